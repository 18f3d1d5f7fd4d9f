"""Records as earlier versions had them."""
