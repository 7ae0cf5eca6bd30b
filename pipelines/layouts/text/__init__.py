"""Typed text made plain tables: notes of a phone, chats, diaries, results pasted from a page."""
