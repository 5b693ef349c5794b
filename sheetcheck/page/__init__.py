"""A page in the browser, served by this machine to itself: what the command line does for one book, by its functions.

::

    guard.py     who may ask: this machine's own browser with the secret of this start, and nobody else
    site.py      the addresses of the page and what each answers
    shelf.py     the workbooks that are open in the page, each in a folder that goes when the page is closed
    excerpt.py   a recipe's rows as they stand in her sheet, with our words at their edge
    result.py    an audit as the page shows it, worst first
    asked.py     the questions to her, and her answers
    sizes.py     what the form for rescaling says, as the command line would
    server.py    the loop-back server and its end
"""
