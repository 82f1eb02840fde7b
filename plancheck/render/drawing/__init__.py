"""Wiring diagrams: what stands on a sheet, where it stands, and the sheet as SVG."""
