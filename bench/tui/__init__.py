"""The screens. The only room that knows Textual."""
