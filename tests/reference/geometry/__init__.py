"""Independent judges of the wall geometry: quadrature, meshes and plan sections against the real CLI."""
