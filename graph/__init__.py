"""What is known: vocabulary, records, quantities, fit rules and verdicts."""
