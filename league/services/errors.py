"""What a service answers when a lawful wish comes at the wrong moment."""


class Refused(Exception):
    """Valid input, wrong moment. `code` is stable; `message` tells the person what to do."""

    def __init__(self, code: str, message: str) -> None:
        super().__init__(message)
        self.code = code
        self.message = message
