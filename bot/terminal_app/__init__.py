"""The terminal front end: every command at a prompt, through a pipe or from a file."""
