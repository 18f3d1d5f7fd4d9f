"""Small vehicles and one machine of another trade, each derived by hand."""
