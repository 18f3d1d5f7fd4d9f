"""The commands, a room each as the questions have them."""
