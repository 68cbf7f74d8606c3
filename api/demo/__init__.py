"""An invented farm: fifteen months of cuts and rounds whose true healing and losses are known."""
