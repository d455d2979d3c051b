"""Spanish: «25 de noviembre de 2026, 14:05», a decimal comma."""

DATE_FORMAT = r"j \d\e F \d\e Y"
TIME_FORMAT = "H:i"
DATETIME_FORMAT = r"j \d\e F \d\e Y, H:i"
SHORT_DATE_FORMAT = "d/m/Y"
SHORT_DATETIME_FORMAT = "d/m/Y H:i"
DECIMAL_SEPARATOR = ","
THOUSAND_SEPARATOR = "\u202f"
NUMBER_GROUPING = 3
