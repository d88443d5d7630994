"""The pages, each made when it is first turned to."""

from logbook.screen.desk import Desk
from logbook.screen.page import Page


def make_page(name: str, desk: Desk) -> Page:
    """The page called `name`, one of `keys.PAGES`."""
    return _page_class(name)(desk, id=name)


def _page_class(name: str) -> type[Page]:
    if name == "choose":
        from logbook.screen.pages.choose import ChoosePage

        return ChoosePage
    if name == "night":
        from logbook.screen.pages.night import NightPage

        return NightPage
    if name == "screws":
        from logbook.screen.pages.screws import ScrewsPage

        return ScrewsPage
    if name == "kit":
        from logbook.screen.pages.kit import KitPage

        return KitPage
    if name == "upkeep":
        from logbook.screen.pages.upkeep import UpkeepPage

        return UpkeepPage
    from logbook.screen.pages.past import PastPage

    return PastPage
