"""What does a label say of a crop, by whatever name crop, product or active ingredient were typed?"""
