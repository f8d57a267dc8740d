"""The article: a build told as data, then as a document."""
