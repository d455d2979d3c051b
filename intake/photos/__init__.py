"""Photos and the one short video of a round: what is taken, how it is made harmless, where it is kept.

Nothing a client sends is trusted. A photo is decoded and written anew by a process of its own (``reencode``) with
bounded memory and time; a video is never looked into and never shown, only handed on as a download.
"""
