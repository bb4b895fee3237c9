"""The job sheet: one page for the phone, the table and the printer; and a short one for the customer."""

from cutplan.render.sheet.customer import customer_sheet
from cutplan.render.sheet.job import job_sheet
from cutplan.render.sheet.pdf import sheet_pdf

__all__ = ["customer_sheet", "job_sheet", "sheet_pdf"]
