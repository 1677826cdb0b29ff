"""Charts: geometry for our own SVG templates; every chart comes with its words and its table."""
