"""The service's own settings, with what a test process needs: a key, a state folder of its own, cheap hashes."""

import os
import tempfile

os.environ.setdefault("FARPADDOCK_SECRET_KEY", "only-for-tests-" + "x" * 50)
os.environ.setdefault("FARPADDOCK_STATE_DIR", tempfile.mkdtemp(prefix="farpaddock-test-"))

from config.settings import *  # noqa: F403

PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
STORAGES["staticfiles"] = {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"}  # noqa: F405
THROTTLE_RATES = dict.fromkeys(THROTTLE_RATES, "100000/minute")  # noqa: F405
EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
