"""From pieces watched so far to each piece's chances, next weeks' numbers, fair comparisons.

    rows, methods, traits -> columns -> mixture, arrow -> climb -> pooled.fit -> model
    rows, methods, traits, looks -> landmark_fit      what mouth and encrustation add, if anything
    model + pieces still healing -> chance.predict    chances, dates, 'outside the model'
                                 -> forecast.forecast numbers ready by week
    model + rows                 -> checks            is the model to be believed?
    rows, two methods, traits    -> adjusted          the difference, all else alike

Pure functions of arrays; draws are seeded, so the same input gives the same answer.
"""
