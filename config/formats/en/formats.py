"""English, as the rest of the texts: day before month, a decimal point."""

DATE_FORMAT = "j F Y"
TIME_FORMAT = "H:i"
DATETIME_FORMAT = "j F Y, H:i"
SHORT_DATE_FORMAT = "Y-m-d"
SHORT_DATETIME_FORMAT = "Y-m-d H:i"
DECIMAL_SEPARATOR = "."
THOUSAND_SEPARATOR = "\u202f"
NUMBER_GROUPING = 3
