"""What the sheets of Choose calculate; with numpy and astropy, so only `night.calculations` is
to import it."""

from logbook.screen.pages.choose import bodies
from logbook.screen.services import instrument
from logbook.sky.altitude import one_object, year
from logbook.sky.bright_night import bright_night, moon_tonight, star_test_star
from logbook.sky.framing import field_contents, mosaic
from logbook.sky.night import calendar
from logbook.sky.ranking import plan_wishes


class Calculations:
    """The functions, for worker threads."""

    calendar = staticmethod(calendar.calendar)
    camera_angle = staticmethod(mosaic.camera_angle)
    frame_view = staticmethod(field_contents.frame_view)
    instead_tonight = staticmethod(bright_night.instead_tonight)
    instrument_of = staticmethod(instrument.instrument_of)
    is_body = staticmethod(bodies.is_body)
    moon_tonight = staticmethod(moon_tonight.moon_tonight)
    mosaic = staticmethod(mosaic.mosaic)
    object_tonight = staticmethod(one_object.object_tonight)
    seen_body = staticmethod(bodies.seen_body)
    star_test_stars = staticmethod(star_test_star.star_test_stars)
    thing_at = staticmethod(bodies.thing_at)
    wishes = staticmethod(plan_wishes.wishes)
    year_ahead = staticmethod(year.year_ahead)
