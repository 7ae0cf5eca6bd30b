"""What is written: headings, titles, names of sheets and files, and single cells, each read by itself."""
