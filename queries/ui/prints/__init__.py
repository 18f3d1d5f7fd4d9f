"""What is printed: pages set by Typst from one set of templates, and workbooks to fill in."""
