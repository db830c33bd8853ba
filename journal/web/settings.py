"""The reset in own words, taking the journal along, erasing it, and who decides under 18."""

from typing import Any

from django.conf import settings as configured
from django.contrib import messages
from django.core.mail import EmailMessage
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.template.loader import render_to_string
from django.urls import URLPattern, URLResolver, path, reverse
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_safe

from journal import access, library
from journal.archive import as_text
from journal.forms import GuardianForm, RoutineForm, tried
from journal.library import DEFAULT_BREATHS
from journal.sealing import locks
from journal.services import guardian as guardians
from journal.services import resets
from journal.services.leaving import erase_journal
from journal.services.words import may_write_freely
from journal.web.before import CHANGED, owner
from league.web.doors import account_of, form_page, is_too_fast, knows_password, signed_in, too_many
from league.web.forms import PasswordForm, form_shown, see_other

HOUR = 3600


@signed_in
@form_page
def settings(request: HttpRequest) -> HttpResponse:
    account, player = account_of(request), owner(request)
    routine = access.own_routine(account)
    version = routine.version if routine else 0
    stored = {"sentence": routine.sentence, "breaths": routine.breaths} if routine else {"breaths": DEFAULT_BREATHS}
    free = may_write_freely(player)
    form = RoutineForm(free, request.POST or None, initial={**stored, "version": version})
    page: dict[str, Any] = {
        "free": free,
        "decision": access.decision_about(player),
        "player": player,
        "is_sealed": locks() is not None,
    }
    if request.method != "POST" or not form.is_valid():
        return form_shown(request, "journal/settings.html", form, **page)
    if form.seen_version not in (None, version):
        form.add_error(None, CHANGED)
        form.keep_against(version)
        return form_shown(request, "journal/settings.html", form, status=409, **page)
    entered = form.cleaned_data

    def act() -> None:
        resets.word_routine(player=player, sentence=entered["sentence"], breaths=entered["breaths"])

    if not tried(form, act):
        return form_shown(request, "journal/settings.html", form, **page)
    messages.success(request, "Stored.")
    return see_other(reverse("journal_settings"))


@signed_in
@form_page
@sensitive_post_parameters()
def export(request: HttpRequest) -> HttpResponse:
    owner(request)
    form = PasswordForm(request.POST or None)
    if request.method != "POST" or not form.is_valid() or not knows_password(request, form):
        return form_shown(request, "journal/export.html", form)
    packed = HttpResponse(as_text(account_of(request)), content_type="application/json")
    packed["Content-Disposition"] = 'attachment; filename="journal.json"'
    return packed


@signed_in
@form_page
@sensitive_post_parameters()
def erase(request: HttpRequest) -> HttpResponse:
    player = owner(request)
    form = PasswordForm(request.POST or None)
    if request.method != "POST" or not form.is_valid() or not knows_password(request, form):
        return form_shown(request, "journal/erase.html", form)
    erase_journal(player=player)
    messages.success(request, "The journal is empty. Backups age out by themselves.")
    return see_other(reverse("journal"))


@signed_in
@form_page
@sensitive_post_parameters()
def guardian_ask(request: HttpRequest) -> HttpResponse:
    player = owner(request)
    form = GuardianForm(request.POST or None)
    page: dict[str, Any] = {"player": player, "decision": access.decision_about(player)}
    if request.method != "POST" or not form.is_valid() or not knows_password(request, form):
        return form_shown(request, "journal/guardian_ask.html", form, **page)
    if is_too_fast(request, "guardian", 5, HOUR):
        return too_many(request, "an hour")
    links: list[str] = []
    address = form.cleaned_data["guardian_email"]
    if not tried(form, lambda: links.append(guardians.ask_guardian(player=player, address=address))):
        return form_shown(request, "journal/guardian_ask.html", form, **page)
    link = request.build_absolute_uri(reverse("guardian", args=[links[0]]))
    text = render_to_string("journal/mail/guardian.txt", {"name": player.name, "link": link})
    EmailMessage("A question about a notebook", text, to=[address]).send(fail_silently=True)
    messages.success(request, "The mail is on its way. The link in it works for fourteen days.")
    return see_other(reverse("journal_settings"))


@form_page
def guardian(request: HttpRequest, decision_link: str) -> HttpResponse:
    """For the guardian, who needs no account here: yes or no, and later the other. Not for the player asked about."""
    decision = access.decision_by_link(decision_link)
    is_own = decision.player.account == request.user
    answer = request.POST.get("answer") if request.method == "POST" and not is_own else None
    if answer in ("yes", "no"):
        guardians.decide(decision=decision, allows=answer == "yes")
    shown = {"name": decision.player.name, "decision": decision, "answered": answer in ("yes", "no"), "is_own": is_own}
    page = render(request, "journal/guardian.html", shown, status=403 if is_own else 200)
    page["X-Robots-Tag"] = "noindex, nofollow"
    return page


@signed_in
@require_safe
def evidence(request: HttpRequest) -> HttpResponse:
    return render(request, "journal/evidence.html", {"known": library.EVIDENCE})


@signed_in
@require_safe
def help_page(request: HttpRequest) -> HttpResponse:
    return render(request, "journal/help.html", {"lines": configured.HELP_LINES})


urlpatterns: list[URLPattern | URLResolver] = [
    path("settings/", settings, name="journal_settings"),
    path("export/", export, name="journal_export"),
    path("erase/", erase, name="journal_erase"),
    path("guardian/", guardian_ask, name="guardian_ask"),
    path("guardian/<str:decision_link>/", guardian, name="guardian"),
    path("evidence/", evidence, name="journal_evidence"),
    path("help/", help_page, name="journal_help"),
]
