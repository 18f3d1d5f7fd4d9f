"""The demo world: an invented light van, its parts, its club and its sellers, as plain record tables.

Nothing here describes a real vehicle, maker, part, seller or person. See README.md beside this file.
"""
