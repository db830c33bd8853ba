"""The service's settings for tests. Reading them leaves nothing behind: the data folder is there while tests run."""

import os
import shutil
import tempfile

# A developer's own variables must not reach a real database from here.
for name in [name for name in os.environ if name.startswith("LEAGUE_") and name != "LEAGUE_OWN_PYTHON"]:
    del os.environ[name]
os.environ["LEAGUE_DATA"] = tempfile.mkdtemp(prefix="league-")
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
EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"

shutil.rmtree(DATA)
