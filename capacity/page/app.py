"""The script that `capacity page` has Streamlit run."""

from capacity.page import show

show()
