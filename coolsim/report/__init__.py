"""What people see: tables, figures and files. Figures are imported by their own modules only, since they are heavy."""
