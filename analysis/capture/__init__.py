"""The data of one sweep: samples, turns, events, exclusions, typed readings, certificate; knows no fit."""
