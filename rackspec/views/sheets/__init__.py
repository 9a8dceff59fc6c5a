"""Sheets to print or cut at 1:1: in: plain numbers of a rack, out: pages of lines, and SVG, PDF or DXF of them."""
