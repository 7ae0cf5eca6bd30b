"""Sheets made plain tables: blocks apart, people, days and exercises that are columns made rows, weeks made days."""
