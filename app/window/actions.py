"""Every command of the window as a table: menus, shortcuts and the keyboard help are made from it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class ActionSpec:
    """A command: identifier, menu, text with its mnemonic, shortcuts (Qt's portable text), whether it is a switch.

    ``menu`` is "" for a key that works on the page without standing in a menu; ``shown`` is what the help prints
    for such keys. A text of "-" is a separator.
    """

    id: str
    menu: str
    text: str
    keys: tuple[str, ...] = ()
    checkable: bool = False
    help: str = ""
    shown: str = ""


MENUS = ("&File", "&Edit", "&Take", "&Play", "P&ractice", "C&lass", "&View", "&Help")

ACTIONS: tuple[ActionSpec, ...] = (
    ActionSpec("new", "&File", "&New tune…", ("Ctrl+N",)),
    ActionSpec("open", "&File", "&Open…", ("Ctrl+O",)),
    ActionSpec("recent", "&File", "Open &recent"),
    ActionSpec(
        "paste", "&File", "Paste a &tune", ("Ctrl+V",), help="bars in any fashion, ABC or MusicXML, from the clipboard"
    ),
    ActionSpec("open_line", "&File", "Open a &line over these changes…", ("Ctrl+L",), help="MusicXML, ABC or MIDI"),
    ActionSpec("tune_line", "&File", "&Read the tune as a line", help="degrees, shapes, a summary, a lesson sheet"),
    ActionSpec("-", "&File", "-"),
    ActionSpec("save", "&File", "&Save", ("Ctrl+S",)),
    ActionSpec("save_as", "&File", "Save &as…", ("Ctrl+Shift+S",)),
    ActionSpec("export", "&File", "&Export…", ("Ctrl+E",), help="score (MusicXML), MIDI file, sound (WAV) or parts"),
    ActionSpec(
        "sheets", "&File", "S&heets and printing…", ("Ctrl+P",), help="parts, blanks, answer keys; PDF or paper"
    ),
    ActionSpec("-", "&File", "-"),
    ActionSpec("preferences", "&File", "Pre&ferences…", ("Ctrl+,",)),
    ActionSpec("quit", "&File", "&Quit", ("Ctrl+Q",)),
    ActionSpec("undo", "&Edit", "&Undo", ("Ctrl+Z",)),
    ActionSpec("redo", "&Edit", "&Redo", ("Ctrl+Shift+Z", "Ctrl+Y")),
    ActionSpec("-", "&Edit", "-"),
    ActionSpec("history", "&Edit", "&History of edits…", ("Ctrl+Alt+Z",), help="go back to any of them, and forward"),
    ActionSpec("find_command", "&Edit", "F&ind a command…", ("Ctrl+F",), help="by a word of it; and change its key"),
    ActionSpec("-", "&Edit", "-"),
    ActionSpec("copy_bars", "&Edit", "&Copy these bars as text", ("Ctrl+C",)),
    ActionSpec("paste_bars", "&Edit", "Paste bars &over these", ("Ctrl+Shift+V",), help="bars of text, as one edit"),
    ActionSpec("edit_bar", "&Edit", "&Type over this bar", help="or simply type a chord", shown="Enter"),
    ActionSpec("edit_standard", "&Edit", "Type the &standard of this bar", shown="Shift + Enter"),
    ActionSpec("edit_tune_text", "&Edit", "Type the tune of this &bar", ("Ctrl+M",), help="in ABC notes: B2 d2 ^f2 z2"),
    ActionSpec("tune_mode", "&Edit", "Write the tune on the &staff", ("M",), checkable=True),
    ActionSpec("-", "&Edit", "-"),
    ActionSpec("put_played", "&Edit", "Put the &played chord here", ("Q",), help="as it is named, from the keyboard"),
    ActionSpec("next_name", "&Edit", "The next name for &what was played", ("Shift+Q",)),
    ActionSpec(
        "record", "&Edit", "Re&cord the tune", ("Shift+M",), checkable=True, help="played on the MIDI keyboard, in time"
    ),
    ActionSpec("-", "&Edit", "-"),
    ActionSpec(
        "add_reference", "&Edit", "Add a re&ference row…", ("Ctrl+Shift+R",), help="from the standard or the take"
    ),
    ActionSpec("rename_reference", "&Edit", "Re&name this reference row…"),
    ActionSpec("remove_reference", "&Edit", "Remo&ve this reference row"),
    ActionSpec("-", "&Edit", "-"),
    ActionSpec(
        "another_key", "&Edit", "Another &key…", ("Ctrl+Shift+K",), help="for the singer, with the tune's range"
    ),
    ActionSpec("details", "&Edit", "Tune &details…", ("Ctrl+I",), help="title, key, tempo, feel"),
    ActionSpec("select_all", "&Edit", "Select &all bars", ("Ctrl+A",)),
    ActionSpec("take_proposal", "&Take", "&Take the proposal", ("T",), help="Enter does the same in the list"),
    ActionSpec("hear", "&Take", "&Hear the proposal in its place", ("H",), help="from the bar before to the bar after"),
    ActionSpec("how", "&Take", "How this &came about", ("X",), help="in named steps; keep the reading you prefer"),
    ActionSpec("words", "&Take", "Your &words on this change", ("W",), help="kept beside the change, in the file too"),
    ActionSpec("why", "&Take", "Wh&y this one stands here", ("Y",), help="points for and against the proposal in hand"),
    ActionSpec("refused", "&Take", "Show what is re&fused here", ("U",)),
    ActionSpec("-", "&Take", "-"),
    ActionSpec("lock", "&Take", "&Lock or unlock these bars", ("L",)),
    ActionSpec("restore", "&Take", "&Restore the standard here", ("R",)),
    ActionSpec("-", "&Take", "-"),
    ActionSpec("new_take", "&Take", "&New take", ("Ctrl+T",)),
    ActionSpec("copy_take", "&Take", "&Duplicate this take", ("Ctrl+D",)),
    ActionSpec("rename_take", "&Take", "Rena&me this take…"),
    ActionSpec("remove_take", "&Take", "Remo&ve this take"),
    ActionSpec("next_take", "&Take", "Ne&xt take", ("Ctrl+K",)),
    ActionSpec("-", "&Take", "-"),
    ActionSpec(
        "whole_takes", "&Take", "Look for whole ta&kes…", ("Ctrl+Shift+T",), help="planned over the form, best first"
    ),
    ActionSpec("compare", "&Take", "Com&pare takes…", ("Ctrl+Shift+D",), help="two rows side by side; bars merged"),
    ActionSpec("play", "&Play", "&Play or stop", ("Space",)),
    ActionSpec("play_here", "&Play", "Play from &here", ("Shift+Space",)),
    ActionSpec("side", "&Play", "Hear the other &row", ("S",), help="standard or take, at the same moment"),
    ActionSpec("loop", "&Play", "&Loop these bars", ("O",), checkable=True),
    ActionSpec("count_in", "&Play", "&Count in", ("I",), checkable=True),
    ActionSpec("faster", "&Play", "&Faster", ("Ctrl+Up",), help="to play; the tune keeps its own tempo"),
    ActionSpec("slower", "&Play", "Slo&wer", ("Ctrl+Down",)),
    ActionSpec("own_tempo", "&Play", "Back to the tune's &tempo", ("Ctrl+Shift+Down",)),
    ActionSpec("keep_tempo", "&Play", "Wr&ite this tempo into the tune", ("Ctrl+Shift+Up",)),
    ActionSpec("output", "&Play", "S&ound and MIDI…", ("Ctrl+Shift+O",), help="SoundFont, MIDI ports, channels"),
    ActionSpec(
        "panic", "&Play", "Silence &everything", ("Ctrl+.",), help="stops, and ends every note on the MIDI port"
    ),
    ActionSpec("both_ways", "P&ractice", "Play these bars &both ways", ("Shift+S",), help="standard, then take"),
    ActionSpec(
        "accompany", "P&ractice", "Another acc&ompaniment", ("Shift+P",), help="drawn anew for this take, saved with it"
    ),
    ActionSpec("ear", "P&ractice", "&Ear desk", ("F4",), help="drills cut from this tune, and what you confuse"),
    ActionSpec("hands", "P&ractice", "&Voicings to play", ("F3",), help="of this chord, for piano or guitar; scales"),
    ActionSpec("practise_lines", "P&ractice", "Lines to practise &here", help="guide tones and targets, as a tune"),
    ActionSpec("practice", "P&ractice", "&Practice sheet", ("P",), help="who plays, voicings, drop-outs, slow-down"),
    ActionSpec("-", "P&ractice", "-"),
    ActionSpec(
        "ramp", "P&ractice", "&Slow-down loop", ("Shift+O",), checkable=True, help="a tempo that rises by itself"
    ),
    ActionSpec("drop", "P&ractice", "The band &drops out", ("J",), checkable=True, help="bars on and off in turn"),
    ActionSpec("click", "P&ractice", "&Click on 2 and 4", ("K",), checkable=True, help="and on what stands for them"),
    ActionSpec("at_bar", "P&ractice", "Switch &rows at the bar line", ("Shift+K",), checkable=True),
    ActionSpec("-", "P&ractice", "-"),
    ActionSpec("mute_piano", "P&ractice", "&Mute the piano", ("Ctrl+1",), checkable=True),
    ActionSpec("mute_bass", "P&ractice", "Mute the b&ass", ("Ctrl+2",), checkable=True),
    ActionSpec("mute_drums", "P&ractice", "Mute the dr&ums", ("Ctrl+3",), checkable=True),
    ActionSpec("mute_tune", "P&ractice", "Mute the &tune", ("Ctrl+4",), checkable=True),
    ActionSpec("solo_piano", "P&ractice", "&Hear only the piano", ("Alt+1",), checkable=True),
    ActionSpec("solo_bass", "P&ractice", "Hear only the bass", ("Alt+2",), checkable=True),
    ActionSpec("solo_drums", "P&ractice", "Hear only the drums", ("Alt+3",), checkable=True),
    ActionSpec("solo_tune", "P&ractice", "Hear only the tune", ("Alt+4",), checkable=True),
    ActionSpec("present", "C&lass", "&Present", ("F5",), help="fills the screen, step by step, for the whole room"),
    ActionSpec(
        "prepare", "C&lass", "P&repare the class…", ("Shift+F5",), help="steps, what was taught, assignments and marks"
    ),
    ActionSpec("add_step", "C&lass", "&Add these bars as a step", ("Ctrl+F5",)),
    ActionSpec("bar_note", "C&lass", "&Write on this bar…", ("Ctrl+Shift+B",), help="kept with the chart"),
    ActionSpec("-", "C&lass", "-"),
    ActionSpec(
        "only_taught", "C&lass", "&Only what was taught", checkable=True, help="proposals and drills of the ear desk"
    ),
    ActionSpec("zoom_in", "&View", "&Larger", ("Ctrl++", "Ctrl+=")),
    ActionSpec("zoom_out", "&View", "&Smaller", ("Ctrl+-",)),
    ActionSpec("zoom_reset", "&View", "&Usual size", ("Ctrl+0",)),
    ActionSpec("-", "&View", "-"),
    ActionSpec("show_staff", "&View", "Show the &tune", checkable=True),
    ActionSpec("show_numerals", "&View", "Show &numerals", ("V",), checkable=True),
    ActionSpec("show_threads", "&View", "Show &guide tones", checkable=True),
    ActionSpec(
        "show_bonds", "&View", "Show &resolutions", checkable=True, help="brackets under ii–V, curves to targets"
    ),
    ActionSpec("show_names", "&View", "Show the &names of notes", checkable=True, help="letters under the tune"),
    ActionSpec("rows", "&View", "Ro&ws"),
    ActionSpec("bars_per_line", "&View", "&Bars in a line"),
    ActionSpec("chord_style", "&View", "&Chord symbols"),
    ActionSpec("theme", "&View", "T&heme"),
    ActionSpec("-", "&View", "-"),
    ActionSpec("map", "&View", "&Map of techniques", ("F9",), help="where each fits, where it is refused and why"),
    ActionSpec("next_finding", "&View", "Go to the next &caution or clash", ("F8",), help="and say which note it is"),
    ActionSpec("focus_page", "&View", "Go to the &page", ("F6",)),
    ActionSpec("focus_proposals", "&View", "Go to the p&roposals", ("F7",)),
    ActionSpec("book", "&Help", "&Technique book", ("Ctrl+B",), help="every technique, in any key, to be heard"),
    ActionSpec("about", "&Help", "&About this technique", ("Shift+F1",), help="of the change here or the card in hand"),
    ActionSpec("keyboard", "&Help", "&Keyboard", ("F1",)),
    ActionSpec("tour", "&Help", "A t&our of the window", help="two minutes; Esc leaves it"),
    ActionSpec("import_report", "&Help", "What was &guessed while opening"),
    ActionSpec("bar_left", "", "Bar before, bar after", shown="←  →"),
    ActionSpec("bar_up", "", "Line above, line below", shown="↑  ↓"),
    ActionSpec("extend", "", "Select several bars", shown="Shift + arrows"),
    ActionSpec("chord_step", "", "Chord by chord", shown="Ctrl + ←  →"),
    ActionSpec("ends", "", "First bar, last bar", shown="Home  End"),
    ActionSpec("type", "", "Type a chord over the bar", shown="A … G  N  %"),
    ActionSpec("next_bar", "", "Accept and go to the next bar", shown="Tab"),
    ActionSpec("every_pass", "", "Accept for every pass of a repeated bar", shown="Ctrl + Enter"),
    ActionSpec("escape", "", "Leave typing, leave the staff", shown="Esc"),
    ActionSpec("whole_keys", "", "Takes side by side: hear it or stop, the other row", shown="Space  S"),
    ActionSpec("whole_put", "", "Whole takes: put it on the chart, merge the bars", shown="T  M"),
    ActionSpec("compare_keys", "", "Compare takes: merge the bars to the right, to the left", shown="M  Shift + M"),
    ActionSpec("difference", "", "Compare takes: go to the next difference", shown="N"),
    ActionSpec("tune_letters", "", "On the staff: write a note", shown="A … G  Z"),
    ActionSpec("tune_values", "", "On the staff: whole, half, quarter, eighth, sixteenth", shown="1 2 4 8 6"),
    ActionSpec("tune_dot", "", "On the staff: dot, triplet", shown=".  3"),
    ActionSpec("tune_move", "", "On the staff: note up or down, Alt half step, Shift octave", shown="↑  ↓"),
    ActionSpec("tune_delete", "", "On the staff: take the note away", shown="Del"),
)


def spec(identifier: str) -> ActionSpec:
    """The row of a command; raises KeyError."""
    return {item.id: item for item in ACTIONS}[identifier]


def plain_text(item: ActionSpec) -> str:
    """The text without its mnemonic and dots."""
    return item.text.replace("&", "").rstrip("…")


def shown_keys(item: ActionSpec) -> str:
    """The keys as the help prints them."""
    return item.shown or "  or  ".join(
        key.replace("+", " + ") if key != "Ctrl++" else "Ctrl + +" for key in item.keys[:1]
    )
