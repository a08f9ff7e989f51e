"""Errors a user can mend. Anything else that is raised is our own bug."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, order=True)
class Mark:
    """A place in a file, lines and columns counted from 1."""

    file: str
    line: int
    column: int

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}"


class ProjectError(Exception):
    """A project cannot be read or built. `lines` are complete messages, one line each."""

    def __init__(self, *lines: str) -> None:
        super().__init__("\n".join(lines))
        self.lines = tuple(lines)


class ConfigError(ProjectError):
    """Bad input, each line `file:line:column: what is wrong, what would be right`."""

    @classmethod
    def at(cls, mark: Mark | None, message: str) -> "ConfigError":
        return cls(f"{mark}: {message}" if mark else message)


class GeometryError(ProjectError):
    """A part cannot be made into the shape it describes. The message names the part and what was measured."""


class ExportError(ProjectError):
    """A file could not be written whole. The message names the file."""
