"""What is taken and no more. The refusals name these numbers."""

MOST_PHOTOS = 8
MOST_VIDEOS = 1
MEGABYTE = 1_000_000
PHOTO_BYTES = 15 * MEGABYTE
VIDEO_BYTES = 40 * MEGABYTE
#: A whole form: eight photos and the video at their largest, and the words beside them.
FORM_BYTES = MOST_PHOTOS * PHOTO_BYTES + VIDEO_BYTES + MEGABYTE
#: What is read to the end only so that the refusal reaches the sender; a longer body is cut off.
DRAINED_BYTES = 400 * MEGABYTE
LONGEST_ALT = 200
#: Seconds one form may keep a web process at its photos; what is left over is asked for again.
FORM_SECONDS = 15.0
