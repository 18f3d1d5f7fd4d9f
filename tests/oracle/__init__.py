"""An independent brute-force answer for small worlds: plain Python, nothing of the engine.

`world` holds the data, `verdict` judges one check, `motion` says what goes and what moves, `fillings`
tries every filling of `candidates`, `plan` prefers one, `reasons` tries what a reason leaves out,
`records` writes worlds as the tables that the program reads, `layouts` and `generate` make worlds at
random. None of these imports `knockon`; `engine` and `questions` ask it and compare.
"""
