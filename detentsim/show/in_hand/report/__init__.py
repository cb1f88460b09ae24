"""The report page: a self-contained HTML file on one knife, and everything on it as one JSON document.

Comes in: a `Report`.
Leaves: text of the page; the document.
Must not know: files, and how anything on the page is computed.
Read first: ``page``.
"""
