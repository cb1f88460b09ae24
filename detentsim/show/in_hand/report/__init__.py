"""The page on one knife: a self-contained HTML file, and everything on it as a JSON document.

Comes in: a `Report`.
Leaves: text of the page; the document.
Must not know: files, and how anything on the page is computed.
Read first: ``page``.
"""
