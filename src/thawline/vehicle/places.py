"""Find the lines at which the tables and keys of a TOML text stand."""

from __future__ import annotations

from dataclasses import dataclass, field

#: A table or a key: its names from the top.
Names = tuple[str, ...]

_ESCAPES = {
    "n": "\n",
    "t": "\t",
    "r": "\r",
    "b": "\b",
    "f": "\f",
    "e": "\x1b",
    '"': '"',
    "\\": "\\",
}


@dataclass(slots=True)
class _Scanner:
    """Walks over a text that is valid TOML."""

    text: str
    at: int = 0
    line: int = 1
    found: dict[Names, int] = field(default_factory=dict)

    def peek(self, length: int = 1) -> str:
        return self.text[self.at : self.at + length]

    def step(self, count: int = 1) -> str:
        passed = self.text[self.at : self.at + count]
        self.line += passed.count("\n")
        self.at += count
        return passed

    def blank(self) -> None:
        """Pass over spaces, line ends and comments."""
        while self.at < len(self.text):
            if self.peek() == "#":
                while self.peek() not in ("", "\n"):
                    self.step()
            elif self.peek().isspace():
                self.step()
            else:
                return

    def string(self) -> str:
        """Pass over a string of any of the four kinds and give what it says."""
        quote = self.peek()
        closing = quote * 3 if self.peek(3) == quote * 3 else quote
        self.step(len(closing))
        said = ""
        while self.at < len(self.text) and self.peek(len(closing)) != closing:
            letter = self.step()
            if letter == "\\" and quote == '"':
                escaped = self.step()
                digits = {"u": 4, "U": 8, "x": 2}.get(escaped)
                letter = chr(int(self.step(digits), 16)) if digits else _ESCAPES.get(escaped, "")
            said += letter
        self.step(len(closing))
        while len(closing) == 3 and self.peek() == quote:  # a quote before the closing three
            self.step()
        return said

    def key(self) -> Names:
        """Pass over a key, dotted or not, quoted or bare."""
        names: list[str] = []
        while self.at < len(self.text):
            self.blank()
            if self.peek() in ('"', "'"):
                names.append(self.string())
            else:
                begin = self.at
                while self.peek() and (self.peek().isalnum() or self.peek() in "_-"):
                    self.step()
                names.append(self.text[begin : self.at])
            self.blank()
            if self.peek() != ".":
                break
            self.step()
        return tuple(names)

    def note(self, names: Names, line: int) -> None:
        """Keep the first line of a name and of all that it lies in."""
        for depth in range(1, len(names) + 1):
            self.found.setdefault(names[:depth], line)

    def pair(self, prefix: Names) -> None:
        """Pass over a key and its value."""
        line = self.line
        names = prefix + self.key()
        self.note(names, line)
        self.step()  # the equals sign
        self.value(names)

    def value(self, names: Names) -> None:
        """Pass over a value; note the keys of inline tables."""
        self.blank()
        opening = self.peek()
        if opening in ('"', "'"):
            self.string()
        elif opening in ("[", "{"):
            self.step()
            while self.at < len(self.text):
                self.blank()
                if self.peek() in ("]", "}"):
                    break
                if opening == "[":
                    self.value(names)
                else:
                    self.pair(names)
                self.blank()
                if self.peek() == ",":
                    self.step()
            self.step()
        else:
            while self.peek() not in ("", "\n", ",", "]", "}", "#"):
                self.step()

    def scan(self) -> None:
        """Walk over the whole text."""
        prefix: Names = ()
        while True:
            self.blank()
            if self.at >= len(self.text):
                return
            if self.peek() == "[":
                line = self.line
                brackets = 2 if self.peek(2) == "[[" else 1
                self.step(brackets)
                prefix = self.key()
                self.step(brackets)
                self.note(prefix, line)
                self.found[prefix] = line  # the header itself, even if a sub-table came before
            else:
                self.pair(prefix)


def find_places(text: str) -> dict[Names, int]:
    """Find the line of every table and key.

    Parameters
    ----------
    text : str
        A text that is valid TOML.

    Returns
    -------
    dict of tuple of str to int
        The line, counted from 1, by the names from the top [1].
    """
    scanner = _Scanner(text)
    scanner.scan()
    return scanner.found


def line_of(places: dict[Names, int], names: Names) -> int:
    """Find the line of a name, or of what it should lie in.

    Parameters
    ----------
    places : dict of tuple of str to int
        What ``find_places`` gave [1].
    names : tuple of str
        The names from the top.

    Returns
    -------
    int
        The line; 0 if nothing of it is in the text [1].
    """
    for depth in range(len(names), 0, -1):
        if names[:depth] in places:
            return places[names[:depth]]
    return 0
