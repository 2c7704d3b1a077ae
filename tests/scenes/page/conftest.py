"""One browser for all tests of the page."""

from tests.scenes.page.browsers import browser

__all__ = ["browser"]
