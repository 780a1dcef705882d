"""What people read: plain sentences, cards, records and charts, drawn from result dataclasses."""
