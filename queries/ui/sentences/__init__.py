"""What knockon says, sentence by sentence: a named template each, with nothing but text, so that they can be read
through in one go. Fields in braces are filled by ``TEMPLATE.format(field=...)`` in ``texts/`` and ``commands/``."""
