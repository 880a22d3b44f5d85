"""Shots: what a record is, how any shot table is read, which records look wrong."""
