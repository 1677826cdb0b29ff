"""The open standard's own machinery, as far as it is read: elements, code lists, empty values, units, versions.

Source of every fact: NEMSIS v3.5.1 XSDs and data dictionary. No clinical code list stands here.
"""
