"""Air and discs fly: pure numerics, SI floats and arrays in, arrays out."""
