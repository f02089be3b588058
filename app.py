"""The page, for `streamlit run app.py -- DIR`; `capacity page DIR` starts the same page."""

from capacity.page import show

show()
