"""The audit inside spreadsheet programs: open workbooks turned into files to audit, marks carried out. No own logic."""
