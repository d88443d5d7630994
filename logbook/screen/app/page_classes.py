"""The pages, each made when it is first turned to."""

from logbook.screen.services.services import Desk
from logbook.screen.widgets.page import Page


def make_page(name: str, desk: Desk) -> Page:
    """The page called `name`, one of `keys.PAGES`."""
    return _page_class(name)(desk, id=name)


def _page_class(name: str) -> type[Page]:
    if name == "choose":
        from logbook.screen.pages.choose.page import ChoosePage

        return ChoosePage
    if name == "night":
        from logbook.screen.pages.night.page import NightPage

        return NightPage
    if name == "screws":
        from logbook.screen.pages.screws.page import ScrewsPage

        return ScrewsPage
    if name == "kit":
        from logbook.screen.pages.kit.page import KitPage

        return KitPage
    if name == "upkeep":
        from logbook.screen.pages.upkeep.page import UpkeepPage

        return UpkeepPage
    from logbook.screen.pages.past.page import PastPage

    return PastPage
