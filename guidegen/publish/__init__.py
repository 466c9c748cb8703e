"""From a guide to files that a browser opens: pages, site, print page, the swap into place."""
