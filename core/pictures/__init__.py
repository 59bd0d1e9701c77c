"""Pictures as PNG bytes with alt text, and the plate map as text. Values in, bytes out; no window, no file, no pyplot."""
