"""How fast nitrate rises, from what, and what cannot be told."""
