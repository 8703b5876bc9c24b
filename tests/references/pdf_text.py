"""The text of each page of some PDFs, by pdfium.

Arguments: PDFs. Prints a JSON list for each: the text of its pages, white space made single.
"""
import json
import sys

import pypdfium2 as pdfium


def pages(path):
    document = pdfium.PdfDocument(path)
    return [" ".join(page.get_textpage().get_text_range().split()) for page in document]


print(json.dumps([pages(path) for path in sys.argv[1:]]))
