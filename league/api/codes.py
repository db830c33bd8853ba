"""Every problem code of the API: its status, what happened, and what to do about it. They are stable."""

from typing import NamedTuple


class Code(NamedTuple):
    """`status` is the one it comes with, `title` what happened, `advice` what to do about it."""

    status: int
    title: str
    advice: str


CODES: dict[str, Code] = {
    "unreadable": Code(
        400,
        "This could not be read",
        "Send one JSON object in UTF-8. The detail says where reading stopped.",
    ),
    "invalid": Code(
        400,
        "This cannot be stored yet",
        "Each entry of `errors` names a field and says what to enter there. Put them right and send again.",
    ),
    "rule_broken": Code(
        400,
        "A rule stands against this",
        "Each entry of `errors` names a field and says what is asked for, by the published rules or by this service. "
        "Put them right and send again.",
    ),
    "file_refused": Code(
        400,
        "This file cannot be taken yet",
        "`problems` names each line and column and says what to write there; `questions` what to choose.",
    ),
    "unknown_parameter": Code(
        400,
        "The address has a parameter that is not known here",
        "Take the named parameter out, or spell it as the API page does. A parameter may stand once.",
    ),
    "invalid_parameter": Code(
        400,
        "A parameter of the address has a value that cannot be used",
        "Each entry of `errors` names a parameter and the values it takes.",
    ),
    "invalid_cursor": Code(
        400,
        "This cursor does not belong to this list",
        "Start again without `cursor` and follow `next`. A cursor is bound to one person and one set of filters.",
    ),
    "invalid_key": Code(
        400,
        "This Idempotency-Key cannot be used",
        "Send 16 to 64 of A-Z, a-z, 0-9, _ and -, fresh for each thing to be done.",
    ),
    "bad_request": Code(400, "This request could not be understood", "Look at the address and the headers."),
    "sign_in_needed": Code(
        401,
        "Sign in, or send a token",
        "Send `Authorization: Bearer` with an API token that has not ended or been withdrawn.",
    ),
    "not_allowed": Code(403, "This is not yours to do", "Ask an organiser of the group, or the owner."),
    "scope_missing": Code(
        403,
        "This token may not do that",
        "Make a token with the scope that is needed: read to look, write to change, journal for the journal.",
    ),
    "browser_only": Code(
        403, "Tokens cannot manage the account", "Sign in with a browser and do it on the settings page."
    ),
    "csrf": Code(
        403,
        "This page was open for a while",
        "Reload the page and send again. Programs send a token in the Authorization header instead.",
    ),
    "not_found": Code(404, "Nothing here, or not for you", "Look at the address; it ends with a slash."),
    "wrong_method": Code(405, "This address does not take that method", "The Allow header lists those it takes."),
    "not_acceptable": Code(406, "This format is not offered", "Ask for application/json."),
    "refused": Code(409, "Lawful, but not now", "The detail says what stands in the way."),
    "email_taken": Code(409, "This address has an account already", "Sign in with it, or choose another one."),
    "has_account": Code(409, "This player has an account", "What is theirs, they do themselves."),
    "no_account": Code(409, "This player has no account", "Send a claim link first."),
    "is_member": Code(409, "A member already", "Nothing needs to be done."),
    "has_rounds": Code(409, "There are rounds on both sides", "The detail says which to keep apart."),
    "invitation_over": Code(409, "This invitation is over", "Ask an organiser for a new one."),
    "group_rests": Code(
        409,
        "This group rests",
        "It can be read and exported. Nothing new comes in until whoever runs the service names an organiser.",
    ),
    "last_organiser": Code(409, "The only organiser stays", "Make somebody else an organiser first."),
    "round_withdrawn": Code(409, "This round was withdrawn", "Post it again if it was played after all."),
    "attested_already": Code(409, "This card is attested already", "Nothing needs to be done."),
    "attested_self": Code(409, "Somebody else attests your card", "Ask a marker or a member of the group."),
    "player_erased": Code(409, "This player was erased meanwhile", "Nothing was stored, and nothing needs to be done."),
    "barrier_twice": Code(409, "This barrier is set already", "Nothing needs to be done."),
    "barrier_gone": Code(409, "This barrier was dropped meanwhile", "Set it again if you want it."),
    "barriers_many": Code(409, "Many barriers are set", "Drop one first."),
    "club_twice": Code(409, "A club of this name stands in the book already", "Change that one, or choose a name."),
    "clubs_many": Code(409, "Many clubs stand in the book", "Remove one first."),
    "club_gone": Code(409, "This club was removed meanwhile", "Read the book again."),
    "shots_many": Code(409, "The book is full of measured shots", "Remove old ones first."),
    "book_has_clubs": Code(409, "The book has clubs already", "A usual set only fills an empty book."),
    "plans_many": Code(409, "Many plans are kept", "Remove old ones first."),
    "plan_gone": Code(409, "This plan was removed meanwhile", "Make another one."),
    "round_planned": Code(409, "Another plan stands beside this round", "Remove that plan, or choose another round."),
    "course_has_tees": Code(409, "The course has tees", "Delete the tees first, or enter another course."),
    "course_used": Code(409, "Rounds were played on this course", "It stays. Its name can be changed."),
    "tee_gone": Code(409, "This tee was deleted meanwhile", "Choose another tee."),
    "tee_used": Code(
        409, "Rounds were played on this tee", "It stays as it is. Re-rate it from a day on, or end it with a last day."
    ),
    "tee_used_on_those_days": Code(
        409, "Rounds were played on this tee on those days", "Choose days that cover the rounds."
    ),
    "confirm_first": Code(
        409,
        "Some values are unusual",
        "Each entry of `errors` names one. Nothing was stored: check them, then send again with `confirm_warnings`: "
        "true, or a list of their codes.",
    ),
    "import_not_ready": Code(409, "This import has problems", "Put them right and read the file again."),
    "import_ended": Code(409, "This import is over", "Read the file again."),
    "import_waits": Code(409, "These rounds wait for the player", "Only the player can say yes to them."),
    "import_outdated": Code(
        409, "Something changed since the file was read", "Nothing was stored. Read the file again."
    ),
    "import_not_applied": Code(409, "This import has stored nothing yet", "There is nothing to undo."),
    "newer_version": Code(409, "There is a newer version of this tee", "Change the newest version."),
    "key_busy": Code(
        409,
        "The first request with this key is still running",
        "Wait as long as Retry-After says, then send the same request again. It is done once.",
    ),
    "card_sent": Code(
        409,
        "This line of the card was sent in already",
        "`late` holds the marks that came after; they are stored nowhere. Correct the round, or let them be.",
    ),
    "card_written": Code(
        409, "Somebody else wrote on this card", "Send it in; lines of members wait for their own yes or no."
    ),
    "card_dropped": Code(409, "This card was dropped", "Open another card if the round was played after all."),
    "card_tee_changed": Code(
        409,
        "The tee was changed since the card was opened",
        'Look at the tee, then send again with `confirm`: ["card_tee_changed"], or with another `tee`.',
    ),
    "card_unsettled": Code(409, "Two values stand for one hole", "Choose one of each, then send the card in."),
    "card_settled": Code(409, "This hole was settled meanwhile", "Look at the card again."),
    "card_line_open": Code(409, "This line is still being written", "Send the card in first."),
    "card_answered": Code(409, "This line was answered already", "Nothing needs to be done."),
    "stale": Code(
        412,
        "This was changed meanwhile",
        "`yours` is what was sent and `stored` what stands now. Choose, then send again with the new ETag.",
    ),
    "too_big": Code(413, "This is too big", "Send less at a time."),
    "wrong_media_type": Code(415, "This kind of content is not taken here", "Send Content-Type: application/json."),
    "key_reused": Code(
        422,
        "This Idempotency-Key was used for another request",
        "Send a fresh key with a fresh request, or the same body to hear the first answer again.",
    ),
    "match_required": Code(
        428, "Say which version you have seen", "Send If-Match with the ETag of the answer that you looked at."
    ),
    "too_many": Code(429, "Too many requests", "Wait as long as Retry-After says."),
    "our_fault": Code(
        500, "That was us", "Nothing was stored. Try again; if it stays, quote the request id to the operator."
    ),
    "busy": Code(503, "Busy for a moment", "Nothing was stored. Send it again after Retry-After."),
}

FIELD_CODES: dict[str, str] = {
    "required": "A value is needed.",
    "null": "null is not a value here.",
    "unknown": "There is no such field.",
    "read_only": "This field is set by the service.",
    "twice": "The same name stands twice in one object.",
    "depth": "Too many levels of brackets.",
    "object": "An object is needed.",
    "list": "A list is needed.",
    "list_length": "The list is too short or too long.",
    "number": "A JSON number is needed: no quotes, no true or false, at most 18 digits.",
    "whole": "A whole number is needed.",
    "tenths": "At most one digit after the point.",
    "range": "The number is too small or too large.",
    "text": "A text with visible characters and nothing hidden is needed.",
    "text_too_long": "The text has too many characters.",
    "blank": "The text may not be empty.",
    "date": "A day is needed, written 2026-04-03.",
    "choice": "One of the listed values is needed.",
    "flag": "true or false is needed.",
    "id": "The id of something you can see is needed.",
    "password": "This is not the password of the account.",
    "parameter": "The parameter has a value that cannot be used.",
    "invalid": "The value cannot be used.",
}

STATUS_CODES = {
    400: "bad_request",
    401: "sign_in_needed",
    403: "not_allowed",
    404: "not_found",
    405: "wrong_method",
    406: "not_acceptable",
    409: "refused",
    413: "too_big",
    415: "wrong_media_type",
    429: "too_many",
    500: "our_fault",
    503: "busy",
}
