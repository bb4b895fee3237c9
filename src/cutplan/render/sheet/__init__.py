"""The job sheet: one page for the phone, the table and the printer; and a short one for the customer.

``job``, ``customer`` and ``pdf`` each hold the function that makes theirs; they are imported one by one, since the
customer's page loads the solver.
"""
