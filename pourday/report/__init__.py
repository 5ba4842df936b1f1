"""Reports: rich tables, figures, records. They read outcomes and compute nothing."""
