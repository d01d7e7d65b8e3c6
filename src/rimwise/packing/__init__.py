"""The cart is packed: statics, and which disc goes into which pocket."""
