"""The named computations, a file a topic; `trainer.trade.reckon` lists them all."""
