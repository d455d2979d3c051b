#!/usr/bin/env python
"""Django's command line for Farpaddock."""

import os
import sys


def main() -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    from django.core.exceptions import ImproperlyConfigured
    from django.core.management import execute_from_command_line

    try:
        execute_from_command_line(sys.argv)
    except ImproperlyConfigured as problem:
        # The reader of a setting says which variable and what it wants; a traceback would bury that.
        sys.exit(f"Not configured: {problem}. (DEVELOPERS.md lists every setting; FARPADDOCK_DEMO=1 needs none.)")


if __name__ == "__main__":
    main()
