"""
Drawings as inline SVG, made on the server so that pages need no scripts.

The numbers come in ready to draw.
"""
