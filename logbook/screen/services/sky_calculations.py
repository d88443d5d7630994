"""What the screen asks of the sky; with numpy and astropy, so only `sky.RealSky` imports it."""

from logbook.sky.altitude import curve, track
from logbook.sky.catalogue import objects
from logbook.sky.framing import field_of_view
from logbook.sky.ranking import tonight as ranking


class SkyCalculations:
    """The functions, for worker threads."""

    altitude_curve = staticmethod(curve.altitude_curve)
    deep_sky = staticmethod(objects.deep_sky)
    tonight = staticmethod(ranking.tonight)
    track_of = staticmethod(track.track_of)
    under_limits = staticmethod(ranking.under_limits)
    view_of = staticmethod(field_of_view.view_of)
