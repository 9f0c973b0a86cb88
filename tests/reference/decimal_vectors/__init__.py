"""The General Decimal Arithmetic vectors, read from the installed Python, and the programs that answer them."""
