"""The keys of the Choose page: what each does, for the page, the help and the palette."""

from textual.binding import Binding

CHOOSE_KEYS = (
    Binding(
        "space", "pick", "Plan", tooltip="Put the object into the running order, or take it out"
    ),
    Binding("r", "order", "Running order", tooltip="The running order: move, hours, take out"),
    Binding("o", "object", "Object", tooltip="All about the chosen object"),
    Binding("f", "frame", "Frame", tooltip="The frame to scale, with what else is in it"),
    Binding("slash", "search", "Search", tooltip="Search any object of the sky"),
    Binding("w", "why", "Why", tooltip="The reasons for the chosen object, on a sheet"),
    Binding("l", "limits", "Limits", tooltip="Type limits; the list follows every key"),
    Binding("L", "limit_sets", "Sets", tooltip="The sets of limits: use, edit, rename"),
    *(
        Binding(str(n), f"limit_set({n})", f"Set {n}", tooltip=f"Use set {n} of the limits")
        for n in range(1, 10)
    ),
    Binding("a", "altitude(5)", "Higher", tooltip="Ask for 5° more altitude"),
    Binding("A", "altitude(-5)", "Lower", tooltip="Ask for 5° less altitude"),
    Binding("m", "moon(10)", "Farther from the Moon", tooltip="Ask for 10° more to the Moon"),
    Binding("M", "moon(-10)", "Nearer to the Moon", tooltip="Ask for 10° less to the Moon"),
    Binding("b", "instead", "Bright Moon", tooltip="What to do instead when the Moon is bright"),
    Binding("x", "star", "Test star", tooltip="A star for the star test"),
    Binding("p", "projects", "Projects", tooltip="Wanted hours by object and filter, owed first"),
    Binding("i", "whole_night", "The night", tooltip="Sun, twilights and Moon of the night"),
    Binding("c", "calendar", "Calendar", tooltip="The next 60 nights, to choose one"),
    Binding("left", "night(-1)", "Night before", tooltip="Choose for the night before"),
    Binding("right", "night(1)", "Next night", tooltip="Choose for the next night"),
    Binding("0", "tonight", "Tonight", tooltip="Back to tonight"),
    Binding("t", "next_train", "Next train", tooltip="Choose for the next train"),
    Binding("s", "next_site", "Next site", tooltip="Choose for the next site"),
    Binding("h", "site", "Horizon", tooltip="The site in use: its horizon and sky"),
    Binding("n", "new_site", "New site", tooltip="Write down another place to observe from"),
)

OWN_KEYS = (
    ("Enter", "write `start OBJECT` on the entry line"),
    ("space", "put the object into the running order, or take it out"),
    ("r", "the running order: move, hours, take out"),
    ("o, f", "all about the object; the frame to scale with what else is in it"),
    ("/", "search any object of the sky"),
    ("w", "the reasons for the chosen object, its frame and altitude, on a sheet"),
    ("l", "type limits; the list follows every key"),
    ("1 to 9, L", "use a set of limits; the sheet of the sets"),
    ("a, A", "5° more or less of wanted altitude"),
    ("m, M", "10° more or less distance to the Moon"),
    ("b", "what to do instead when the Moon is bright"),
    ("x", "a star for the star test"),
    ("p", "projects: wanted hours by object and filter, owed first"),
    ("← →", "the night before, the next night; 0 is tonight"),
    ("c", "the next 60 nights, to choose one"),
    ("i", "the night in full: Sun, twilights, darkness, Moon"),
    ("t, s", "the next train, the next site"),
    ("h", "the site in use: its horizon and sky"),
    ("n", "write down another site, with its horizon"),
)
