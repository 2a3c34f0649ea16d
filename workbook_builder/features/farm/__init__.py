"""Who farms which fields with which machines and passes, and which crop does each pass belong to?"""
