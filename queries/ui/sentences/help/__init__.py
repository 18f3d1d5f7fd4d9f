"""What ``--help`` says of commands and their options."""
