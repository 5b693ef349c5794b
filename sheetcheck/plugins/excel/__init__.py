"""The workbook that is open in Excel, over xlwings. Of xlwings only the part under the BSD licence is used."""
