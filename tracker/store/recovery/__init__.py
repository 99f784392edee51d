"""Opening a damaged record: it is set aside whole, and all that can be proven is put together again."""
