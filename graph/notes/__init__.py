"""Notes that members add: written whole or not at all, withdrawn but never erased."""
