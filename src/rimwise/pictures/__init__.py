"""Pictures in metres: SVG scenes of holes, flights and carts, and the sheet."""
