"""Dates of the made-up language: figures alone, so that a month's name is not taken for a text of ours."""

DATE_FORMAT = "Y-m-d"
TIME_FORMAT = "H:i"
DATETIME_FORMAT = "Y-m-d H:i"
SHORT_DATE_FORMAT = "Y-m-d"
SHORT_DATETIME_FORMAT = "Y-m-d H:i"
DECIMAL_SEPARATOR = ","
THOUSAND_SEPARATOR = ""
