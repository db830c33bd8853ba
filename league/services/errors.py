"""What a service answers when a lawful wish comes at the wrong moment."""

from django.db.models import Model


class Refused(Exception):
    """Valid input, wrong moment. `code` is stable; `message` tells the person what to do."""

    def __init__(self, code: str, message: str) -> None:
        super().__init__(message)
        self.code = code
        self.message = message


class Stale(Refused):
    """Somebody stored a newer version first. `stored` is the row that stands now."""

    def __init__(self, stored: Model, message: str = "This was changed meanwhile. Read it again, then decide.") -> None:
        super().__init__("stale", message)
        self.stored = stored
