"""What people read: pictures, sheets, printed tables; the only place that draws, prints and fills in pages."""
