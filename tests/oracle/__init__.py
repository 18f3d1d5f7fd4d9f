"""An independent brute-force answer for small worlds: plain Python, nothing of the engine.

`world` holds the data, `verdict` judges one check, `motion` says what goes and what moves, `plan`
tries every filling of `candidates`, `reasons` tries what a reason leaves out, `records` writes a
world as the tables that the program reads, `layouts` and `generate` make worlds at random.  Nothing
here may import `knockon`.
"""
