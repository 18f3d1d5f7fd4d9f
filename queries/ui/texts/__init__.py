"""Answers as text, a room each as the questions have them."""
