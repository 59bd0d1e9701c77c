"""Pictures as PNG bytes with alt text, and the plate map as text. No window, no file, no pyplot."""
