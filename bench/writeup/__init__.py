"""The write-up: a build told as data, then as a document."""
