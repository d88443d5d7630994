"""A text field that takes its keys in the order in which they come."""

from textual import events
from textual.widgets import Input


class LineInput(Input):
    """An input whose own keys act at once, as letters do.

    Textual runs the action of a key only when the key has gone all the way up to the app. Keys that
    come in one burst, as over a slow line, would overtake it: `1/4⌫8` would become `1/4`, and Enter
    would send a line before the last letter was taken back.
    """

    async def _on_key(self, event: events.Key) -> None:
        for binding in self._bindings.key_to_bindings.get(event.key, ()):
            if not binding.priority and await self.app.run_action(binding.action, self):
                event.stop()
                event.prevent_default()
                return
        await super()._on_key(event)
