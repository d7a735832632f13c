"""Between the settings, the sheet "Sound and MIDI" and the player: SoundFont, ports, channels, panic."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QFileDialog, QWidget

from app.window.playback import Playback
from app.window.settings import Settings
from app.window.sound_dialog import SoundDialog
from app.window.sound_model import NO_IN, NO_OUT, MidiChoice, read_numbers, written_numbers
from core.timeline import DEFAULT_MASTER_LEVEL

FONT_FILTER = "SoundFont (*.sf2 *.SF2);;All files (*)"


class SoundControl(QObject):
    """What is chosen is kept in the settings and told to each player that is started."""

    said = Signal(str)

    def __init__(self, playback: Playback, settings: Settings, window: QWidget) -> None:
        super().__init__(window)
        self._playback, self._settings, self._window = playback, settings, window
        self.dialog: SoundDialog | None = None
        self._font_note, self._looking, self._notes = "", False, {"midi": "", "midi_in": ""}
        self._ports: dict[str, tuple[str, ...]] = {"midi": (), "midi_in": ()}
        self._there: dict[str, bool] = {"midi": False, "midi_in": False}
        self._held: list[str] = []
        playback.started.connect(self._tell_all)
        playback.came.connect(self._on_event)

    # --- what is asked -----------------------------------------------------------------------------------------------

    def open(self) -> None:
        """Show the sheet."""
        if self.dialog is not None:
            self.dialog.raise_()
            return
        dialog = self.dialog = SoundDialog(self._window)
        dialog.font_wished.connect(self._ask_font)
        dialog.own_font_wished.connect(lambda: self.set_font(""))
        dialog.changed.connect(self._on_changed)
        dialog.ports_wished.connect(self._look)
        dialog.panic_wished.connect(self.panic)
        dialog.finished.connect(self._on_closed)
        dialog.show_choice(self.choice, self._settings.get("midi_sound"))
        dialog.show_font(self._settings.get("font"), self._font_note)
        self._show_ports()
        dialog.show()
        self._look()

    def _on_closed(self) -> None:
        if self.dialog is not None:
            self.dialog.deleteLater()
        self.dialog = None

    def _look(self) -> None:
        self._playback.warm()
        self._playback.tell(lambda player: player.ask_ports())

    def panic(self) -> None:
        """Stop, and silence every MIDI channel."""
        self._playback.stop()
        self._playback.tell(lambda player: player.panic())

    def _ask_font(self) -> None:
        font = self._settings.get("font")
        start = str(Path(font).parent) if font else str(Path.home())
        name, _ = QFileDialog.getOpenFileName(self.dialog or self._window, "Choose a SoundFont", start, FONT_FILTER)
        if name:
            self.set_font(name)

    def set_font(self, font: str) -> None:
        """Play on another SoundFont, or ("") on the program's own; the player checks it before it is used."""
        self._settings.set("font", font)
        self._looking = bool(font)
        self._font_note = "Looking at it…" if font else ""
        self._show_font()
        self._playback.tell(lambda player: player.set_font(Path(font) if font else None))

    @property
    def choice(self) -> MidiChoice:
        """What is remembered of MIDI."""
        get = self._settings.get
        return MidiChoice(get("midi_out"), get("midi_in"), read_numbers(get("midi_channels"), 15),
                          read_numbers(get("midi_programs"), 127), get("midi_clock"))  # fmt: skip

    def _on_changed(self) -> None:
        if self.dialog is None:
            return
        before, choice = self.choice, self.dialog.choice()
        sound_too = self.dialog.sound_too.isChecked()
        for key, value in (("midi_out", choice.out), ("midi_in", choice.keyboard), ("midi_clock", choice.clock),
                           ("midi_channels", written_numbers(choice.channels)),
                           ("midi_programs", written_numbers(choice.programs)), ("midi_sound", sound_too)):  # fmt: skip
            self._settings.set(key, value)
        self._tell(choice, before)

    # --- the player --------------------------------------------------------------------------------------------------

    def _tell_all(self) -> None:
        """A player has been started: it learns everything that is not as it begins."""
        self._tell(self.choice, MidiChoice())

    def _tell(self, choice: MidiChoice, before: MidiChoice) -> None:
        # Sound from this computer goes only where there is somewhere else to hear.
        here = self._settings.get("midi_sound") or not choice.out
        self._playback.tell(lambda player: player.set_master(DEFAULT_MASTER_LEVEL if here else 0.0))
        if choice.sent() != before.sent():
            self._playback.tell(lambda player: player.set_midi_setup(*choice.sent()))
        if choice.out != before.out:
            self._there["midi"] = False
            self._playback.tell(lambda player: player.set_midi_port(choice.out or None))
        if choice.keyboard != before.keyboard:
            self._there["midi_in"] = False
            self._playback.tell(lambda player: player.set_midi_input(choice.keyboard or None))

    def _on_event(self, event: dict[str, Any]) -> None:
        name = event.get("event")
        if name in self._notes:
            self._on_port(str(name), event)
        elif name == "font":
            self._on_font(event)
        elif name == "error" and self._looking:
            self._looking = False
            self._font_note = event.get("sentence", "")
            self._show_font()
        elif name == "played":
            self._on_played(event)

    def _on_port(self, name: str, event: dict[str, Any]) -> None:
        was, self._there[name] = self._there[name], bool(event.get("port"))
        key = {"midi": "midi_out", "midi_in": "midi_in"}[name]
        if event.get("port") and event.get("wanted") == self._settings.get(key):
            self._settings.set(key, event["port"])  # its address may be another one than last time
        if "ports" in event:
            self._ports[name] = tuple(event["ports"])
            self._notes[name] = "" if event["ports"] or event.get("port") else event.get("sentence", "")
        else:
            self._notes[name] = event.get("sentence", "")
            # A port that is used as ever needs no word; one that is missing, lost or back does.
            if event.get("wanted") and (was != self._there[name] or not self._there[name]) and self._is_news(event):
                self.said.emit(event["sentence"])
        self._show_ports()

    def _is_news(self, event: dict[str, Any]) -> bool:
        return self.dialog is None and (not event.get("port") or "is back" in event.get("sentence", ""))

    def _on_font(self, event: dict[str, Any]) -> None:
        chosen, self._looking = self._settings.get("font"), False
        if chosen and not event.get("own"):
            # It could not be used, which the error before has said; the program's own plays.
            self._font_note = f"{self._font_note} The program's own is used meanwhile.".strip()
        else:
            self._font_note = event.get("sentence", "") if chosen else ""
        self._show_font()

    def _on_played(self, event: dict[str, Any]) -> None:
        from core.pitch import pitch_from_midi, with_signs

        note = with_signs(str(pitch_from_midi(int(event["pitch"]))))
        if event["on"]:
            self._held.append(note)
        elif note in self._held:
            self._held.remove(note)
        if self.dialog is not None:
            self.dialog.show_played("  ".join(self._held))

    # --- what is shown -----------------------------------------------------------------------------------------------

    def _show_font(self) -> None:
        if self.dialog is not None:
            self.dialog.show_font(self._settings.get("font"), self._font_note)

    def _show_ports(self) -> None:
        if self.dialog is None:
            return
        choice = self.choice
        self.dialog.show_ports(self.dialog.out, self._ports["midi"], choice.out, NO_OUT)
        self.dialog.show_ports(self.dialog.keyboard, self._ports["midi_in"], choice.keyboard, NO_IN)
        self.dialog.out_note.setText(self._notes["midi"])
        self.dialog.in_note.setText(self._notes["midi_in"])
