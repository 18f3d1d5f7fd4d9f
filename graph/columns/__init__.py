"""The catalogue in columns: what is exported as Parquet, and how it is written."""
