"""The service's settings, in a folder that is gone afterwards; told apart from a real run by the lines at the end."""

import atexit
import os
import shutil
import tempfile

# A developer's own variables must not reach a real database from here.
for name in [name for name in os.environ if name.startswith("LEAGUE_") and name != "LEAGUE_OWN_PYTHON"]:
    del os.environ[name]
os.environ["LEAGUE_DATA"] = tempfile.mkdtemp(prefix="league-")
atexit.register(shutil.rmtree, os.environ["LEAGUE_DATA"], ignore_errors=True)
if os.environ.get("TEST_PART") == "postgresql":
    os.environ["LEAGUE_DATABASE_URL"] = os.environ["TEST_POSTGRESQL"]
# The browser's driver runs an event loop in the thread of the test.
os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"

from league.config.settings import *  # noqa: E402, F403
from league.config.settings import DATA, DATABASES, STORAGES  # noqa: E402

# Django's own default, a database in memory shared by threads, fails when threads meet; a file behaves as in use.
if DATABASES["default"]["ENGINE"] == "django.db.backends.sqlite3":
    DATABASES["default"]["TEST"] = {"NAME": str(DATA / "test.sqlite3")}
PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
STORAGES["staticfiles"] = {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"}
ALLOWED_HOSTS = ["localhost", "testserver"]
(DATA / "static").mkdir()  # the server's file part warns when its folder is missing
EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
