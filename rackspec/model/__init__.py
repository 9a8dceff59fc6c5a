"""2. Trees to a linked rack: frozen records whose values say where they were written and how far to trust them."""
