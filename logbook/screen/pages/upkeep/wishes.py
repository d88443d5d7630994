"""The wish list with reasons and prices, and small hardware with its sizes."""

from dataclasses import dataclass, replace
from functools import partial
from typing import ClassVar

from rich.text import Text
from textual.binding import Binding, BindingType

from logbook.commands.upkeep_cmd import price_words, spare_words, wish_words
from logbook.entryline.format import counted
from logbook.kit.parts.part import Part
from logbook.kit.parts.spares import HARDWARE, WISHED, Spare, priced, sizes_of, spares, wishes
from logbook.records.entries import PartRecord
from logbook.screen.dialogs.field import Field
from logbook.screen.dialogs.form import Form
from logbook.screen.dialogs.live_sheet import ListSheet, save
from logbook.screen.pages.kit.kit_forms import NewPart
from logbook.screen.pages.kit.part_form import PartForm
from logbook.screen.pages.upkeep import jobs
from logbook.screen.pages.upkeep.typed import read_whole
from logbook.screen.services.run_job import Job
from logbook.screen.services.services import Desk
from logbook.screen.services.typed_values import read_price


@dataclass(frozen=True, slots=True)
class Row:
    """A wish, or something small. `record` is the part that it is, or that mentions it."""

    record: PartRecord
    spare: Spare | None = None

    @property
    def is_wish(self) -> bool:
        return self.spare is None

    @property
    def is_told_as_wish(self) -> bool:
        """Small hardware that is wished for stands among the wishes, with its sizes."""
        return self.spare is not None and self.spare.is_part and self.record.part.state == WISHED


class WishSheet(ListSheet[tuple[Row, ...]]):
    """Wishes first, then small hardware. n adds one, b says that it is here."""

    KEY_WORDS = "n add   b bought, it is here   o order   e change the part   Escape closes"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("n", "add", "Add", tooltip="Wish for a part, or note small hardware to order"),
        Binding("b", "here", "Bought", tooltip="The chosen one is here"),
        Binding("o", "order", "Order", tooltip="Put the chosen one on the wish list"),
        Binding("e", "change", "Change", tooltip="Open the form of the part"),
    ]

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk, "Wishes, and small hardware with its sizes")

    def work_out(self) -> tuple[Row, ...]:
        records = {each.part.name: each for each in self.desk.view.parts}
        parts = [each.part for each in self.desk.view.parts]
        small = (Row(records[each.part_name], each) for each in spares(parts))
        wished = (Row(records[part.name]) for part in wishes(parts))
        return (*wished, *(row for row in small if not row.is_told_as_wish))

    def top_words(self, found: tuple[Row, ...]) -> Text:
        wished = [each.record.part for each in found if each.is_wish]
        if not found:
            return Text("Nothing is wished for, and no part tells of small hardware. n adds one.")
        if not wished:
            return Text("Nothing is wished for; n adds a wish.")
        total, unpriced = priced(wished)
        more = f", {unpriced} without a price" if unpriced else ""
        return Text(f"{counted(len(wished), 'wish', 'wishes')}, {total:.2f} in all{more}.")

    def rows(self, found: tuple[Row, ...]) -> list[Text]:
        return [_row(each) for each in found]

    def about_words(self, found: tuple[Row, ...], place: int) -> Text:
        row = found[place]
        if row.spare is not None:
            return Text(spare_words(row.spare))
        part = row.record.part
        pieces = (wish_words(part), part.note, part.link)
        return Text("; ".join(each for each in pieces if each))

    def taken(self, found: tuple[Row, ...], place: int) -> None:
        self.action_change()

    # --- keys ---

    def action_add(self) -> None:
        self.app.push_screen(NewPart(self.desk.taken_names("part")), self._begun)

    def _begun(self, part: Part | None) -> None:
        if part is not None:
            self._open(replace(part, state=WISHED), None)

    def action_change(self) -> None:
        row = _chosen(self)
        if row is not None:
            self._open(row.record.part, row.record)

    def _open(self, part: Part, record: PartRecord | None) -> None:
        today = self.desk.local(self.desk.clock()).date()
        taken = self.desk.taken_names("part", record.id if record else None)
        self.app.push_screen(PartForm(part, record, today, taken), partial(save, self))

    def action_here(self) -> None:
        row = _chosen(self)
        if row is None:
            return
        if row.record.part.state != WISHED:
            self.say(f"{row.record.part.name} is {row.record.part.state}, not wished for.")
            return
        self.app.push_screen(HereForm(row.record), partial(save, self))

    def action_order(self) -> None:
        row = _chosen(self)
        if row is None:
            return
        if row.spare is None or not row.spare.is_part:
            self.say("n adds what is to be ordered; o is for small hardware that is a part.")
        elif row.record.part.state == WISHED:
            self.say(f"{row.record.part.name} is on the wish list already.")
        else:
            self.app.push_screen(OrderForm(row.record), partial(save, self))


def _chosen(sheet: WishSheet) -> Row | None:
    place = sheet.listed.place
    return None if sheet.found is None or place is None else sheet.found[place]


def _row(row: Row) -> Text:
    if row.spare is not None:
        style = "bold" if row.spare.stock == 0 else ""
        return Text(f"size  {spare_words(row.spare)}", style=style, no_wrap=True)
    part = row.record.part
    line = Text("wish  ", no_wrap=True)
    line.append(part.name, style="bold")
    line.append(f"  {price_words(part)}  {part.reason}".rstrip(), style="not bold")
    return line


class HereForm(Form[Job]):
    """A part that was wished for has come: what it cost, and how many there are now."""

    def __init__(self, record: PartRecord) -> None:
        self._record = record
        part = record.part
        price = "" if part.price is None else f"{part.price:.2f}"
        fields = [
            Field(
                "price",
                "Price paid",
                price,
                "may stay empty",
                False,
                _price_said,
                help="What it cost, a number without a currency.",
                example="39.90",
            )
        ]
        if part.kind == HARDWARE:
            stock = round(part.number("stock_count") or 0) + 1
            fields.append(
                Field(
                    "stock",
                    "In stock now",
                    f"{stock}",
                    "",
                    False,
                    _stock_said,
                    help="How many of these pieces there are now.",
                    example="10",
                )
            )
        fields.append(
            Field(
                "why",
                "A word",
                "",
                "where from, shown in its history",
                False,
                help="Where it came from, or anything else; it stands in the part's history.",
                example="second hand, thread cleaned",
            )
        )
        intro = "It is owned from now on."
        super().__init__(f"{part.name} is here", fields, intro, about=f"{record.id}")

    def answer(self, values: dict[str, str]) -> Job:
        stock = read_whole(values.get("stock", ""), "pieces")
        return jobs.is_here(self._record, read_price(values["price"]), stock, values["why"])


class OrderForm(Form[Job]):
    """Small hardware is put on the wish list."""

    def __init__(self, record: PartRecord) -> None:
        self._record = record
        field = Field(
            "why",
            "Why",
            "",
            "the last one is used up",
            False,
            help="Why it is wanted; it stands on the wish list.",
            example="the last one is used up",
        )
        sizes = ", ".join(sizes_of(record.part)) or "No size of it is known: e writes it down."
        super().__init__(f"Order {record.part.name}", [field], sizes, about=f"{record.id}")

    def answer(self, values: dict[str, str]) -> Job:
        return jobs.order(self._record, values["why"])


def _price_said(typed: str) -> str:
    price = read_price(typed)
    return "" if price is None else f"{price:.2f}"


def _stock_said(typed: str) -> str:
    return f"{read_whole(typed, 'pieces')} pieces"
