"""An invented farm: a year of cuts and rounds whose true healing times and losses are known."""
