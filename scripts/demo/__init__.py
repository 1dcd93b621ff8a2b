"""The demo site: two pads of an invented township, drawn and measured by arithmetic."""
